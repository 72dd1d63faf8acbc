"""The session as a pure state machine: `step(session, event) -> (session, effects)`.

Time is a number in an event: seconds on the session's one timeline (samples played).
"""
