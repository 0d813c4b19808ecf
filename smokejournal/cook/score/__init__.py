"""The score as values: traces, lanes, ticks, words. It paints nothing."""
