"""From a recipe to the ordered ingredient declaration."""
