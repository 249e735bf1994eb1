"""What stands on papers: each a query that tells one thing whole, in words and numbers ready to be laid out."""
