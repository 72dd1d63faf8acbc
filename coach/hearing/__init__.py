"""Listening: end of speech, recognisers, what counts when, how sure it is."""
