"""Calendar invitations: what we write (RFC 5545, 5546) and how a reply to it is judged."""
