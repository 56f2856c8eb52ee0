"""Pages, papers and figures: what a person looks at, made from the plain data of `reports`."""
