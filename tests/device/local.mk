suite_files += %D%/check_device.c
