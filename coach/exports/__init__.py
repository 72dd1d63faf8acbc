"""The record in forms that other programs and people read: text, pictures, tables, calendars.

Everything here takes values and gives text or files; none of it knows the journal. Libraries that
only exports need are optional, and are named when they are missing.
"""
