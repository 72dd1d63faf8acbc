"""What runs a session: the only loop, its queue, the stages, and a session again after a stop."""
