"""Forms by which facts are said and set right."""
