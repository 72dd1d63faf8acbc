"""The words of the field as values: body, movements, places, people, answers, plans, facts.

Pure: no clock, thread, file, database, randomness or third-party import.
"""
