"""What every page stands on: the shared context, background work, the theme. It knows no page."""
