"""Steps from one schema of the class record to the next."""
