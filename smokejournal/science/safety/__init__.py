"""Published hold tables and lethality over a trace. It judges nothing."""
