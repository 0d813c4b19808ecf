"""From a line of a recipe to a brine or a cure. It knows no log but the request kept in it."""
