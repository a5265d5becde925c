suite_files += %D%/check_deck.c
