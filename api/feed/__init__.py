"""What happened, in the order of the chain: for programs that follow the books."""
