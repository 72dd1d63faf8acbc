"""Pages for browsers beside a session: one app, three roles, nothing from outside."""
