"""What a customer sees through a link."""
