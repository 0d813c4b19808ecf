"""The window that compares cooks: asks which moment is zero, paints traces, shows tables and sentences."""
