"""The desk: an order in a window, a page for the maker's own browser on this computer alone.

It decides nothing: what a label says, whether it is fit and what it costs comes from the same
functions as on the command line, and the maker's files stay the only truth.
"""
