"""What is kept: visits, findings, readings and soaks, in one SQLite file that outlives power cuts."""
