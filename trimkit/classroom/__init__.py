"""Marking a class: keys, the judge, the gradebook's hooks, and a class in miniature."""
