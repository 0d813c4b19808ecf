"""The open journal, the clock, the settings, and each cook kept up with its log. It knows no input and no forecast."""
