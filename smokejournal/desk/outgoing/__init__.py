"""What leaves a plan or a cook: calendar, checklist, shopping list, page, picture. It computes nothing itself."""
