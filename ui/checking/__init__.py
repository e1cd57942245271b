"""A student's reading beside the clip, and a class's readings beside its clips."""
