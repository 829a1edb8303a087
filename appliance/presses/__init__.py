"""From raw edges of keys to presses with a meaning: debouncing, holding, repeating, pairs. Pure; time is handed in."""
