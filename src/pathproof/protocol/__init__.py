"""Sans-I/O readers and writers of the messages that modules and centres speak."""
