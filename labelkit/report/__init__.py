"""Jinja2 templates for findings, proofs and work orders. This room words things, never computes."""
