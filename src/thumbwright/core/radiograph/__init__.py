"""Plain films: grey values, millimetres, named points, lengths and their doubt."""
