"""Who may see what: the teacher's passphrase, the lesson's code, and the door they open."""
