"""Faces and their real glyph heights, line breaking, and copyfitting into a shape."""
