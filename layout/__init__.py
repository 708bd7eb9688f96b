"""Gang molds in numbers: cavities in a box, their walls, the box, the pour and the order. Knows no window."""
