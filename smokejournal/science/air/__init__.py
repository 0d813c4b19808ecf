"""Air, water vapor, boiling and sky. It knows nothing of food."""
