"""General widgets: fields, rows, small dialogs. They know no cook."""
