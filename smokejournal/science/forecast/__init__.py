"""The bodies that are fitted to readings and go on from there. It knows no log and no words."""
