"""What must hold for any request at all."""
