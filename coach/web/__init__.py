"""What a browser gets while a session runs: the large view, and a page of three buttons."""
