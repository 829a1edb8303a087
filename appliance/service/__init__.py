"""The one loop, and what it needs: the presenter, what is remembered, the first picture. Imports nothing here."""
