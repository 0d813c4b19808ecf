"""When will it be done: what goes in, what comes out, and the words. It runs no model."""
