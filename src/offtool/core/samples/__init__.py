"""What a piece shows and where it comes from."""
