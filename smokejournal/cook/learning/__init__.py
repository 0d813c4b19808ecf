"""What came of forecasts, and what finished cooks teach. It walks no journal."""
