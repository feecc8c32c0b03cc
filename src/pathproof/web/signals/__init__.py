"""One job's signals, unproven first, with their evidence."""
