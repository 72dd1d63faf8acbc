"""The screen: draws a session, turns keys into events. Only `app` needs Textual."""
