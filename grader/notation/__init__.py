"""Reading and writing what stands on paper: numbers, units, angles, directions, vectors, formulas."""
