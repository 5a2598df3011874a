"""The TOML files a maker writes, read into frozen dataclasses."""
