"""What tomorrow hangs on, asked for the evening before."""
