"""Data files (TOML) as values: movements, routines, places, voices, settings, and where they are.

Every mistake in a file is a FileError with file, key and line, found before anything starts.
"""
