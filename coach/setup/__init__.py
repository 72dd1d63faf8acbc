"""What a session begins with: what was typed, what is remembered, and what the record tells."""
