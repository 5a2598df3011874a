"""Writes runs and marks as PDF, and prints it."""
