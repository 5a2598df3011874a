"""What a label is: runs, panels, outlines, path segments, and the marks a PDF carries."""
