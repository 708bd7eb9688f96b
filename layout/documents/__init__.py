"""All that leaves the program: DXF, SVG, CSV, HTML and the data of printed pages, in mm."""
