"""What a book, a dossier, a certificate say: plain frozen data without a look."""
