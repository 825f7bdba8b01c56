"""What answers an address. The clock and the user's name are read here and nowhere below."""
