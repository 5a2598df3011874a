"""The law as dated, cited tables, the few kinds of check, and what they find."""
