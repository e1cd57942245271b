"""The class record: what a class filmed, measured and read, kept on this machine."""
