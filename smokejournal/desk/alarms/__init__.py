"""The alarm strip and its sound. It decides no alarm."""
