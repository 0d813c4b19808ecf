"""What came of forecasts, what finished cooks teach, and what made them last. It walks no journal."""
