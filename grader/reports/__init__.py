"""What comes out: figures of the class, the feedback workbook, the key, and the lines on the terminal."""
