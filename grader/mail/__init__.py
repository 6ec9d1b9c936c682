"""Mail: each student's feedback as one message of their own, drafted as files or sent, and to nobody twice."""
