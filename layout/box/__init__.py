"""The box: its panels and joints, the sheets they are cut from, the bulge of its sides."""
