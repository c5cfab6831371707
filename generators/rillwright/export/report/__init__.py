"""The page one looks at: one file with the plates in three dimensions and everything the checks answered."""
