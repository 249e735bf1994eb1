"""What is printed, as PDF at exact millimetres: labels, tags, cards and papers, laid out from plain text alone."""
