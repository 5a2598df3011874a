"""What every room uses: errors, messages, quantities, dates, text, files."""
