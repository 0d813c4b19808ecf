"""What leaves a plan: calendar file, checklist, shopping list. It computes nothing itself."""
