"""What is done beside the web server: duties, each done over and over by one worker."""
