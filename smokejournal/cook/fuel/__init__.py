"""The fire: the cooker, how fast fuel burns, whether it lasts. It knows no stores."""
