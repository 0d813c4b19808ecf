"""What is intended: food, prep, schedule, patterns. It knows no forecast."""
