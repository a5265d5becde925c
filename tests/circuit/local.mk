suite_files += %D%/check_graph.c
