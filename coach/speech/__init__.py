"""Speech: engines that turn a sentence into samples, and the voice that keeps them ready."""
