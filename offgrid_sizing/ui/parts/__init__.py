"""Sections of long pages, one module each."""
