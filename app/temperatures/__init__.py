"""The temperature question: reading and pins, white balance, pictures, families, comparison."""
