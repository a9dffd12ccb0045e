"""Why a line cannot be balanced as asked: the smallest clash, and ways out that were tried."""
