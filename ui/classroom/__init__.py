"""The class's clips after the lesson: given out to groups, measured, pooled."""
