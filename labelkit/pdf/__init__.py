"""Runs and marks as PDF, and PDF as runs."""
