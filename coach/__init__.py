"""A session coach for bouldering that works hands-free."""
