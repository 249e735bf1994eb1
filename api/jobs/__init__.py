"""Long work that a program asks for and fetches later."""
