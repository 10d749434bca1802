"""Questions about the knowledge files, for those who edit them."""
