"""What the machine offers: folders, shipped files, notices, sound. It knows nothing of cooks."""
