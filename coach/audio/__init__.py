"""Sound: what a device is, the real one, the simulated one, and what is played when."""
