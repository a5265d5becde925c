/* Runs a command, its output thrown away, and says what it took: CPU time, s, and peak memory, MiB. */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

static double seconds(struct timeval time)
{
    return (double)time.tv_sec + 1e-6 * (double)time.tv_usec;
}

int main(int argc, char **argv)
{
    struct rusage used;
    int status, nowhere = open("/dev/null", O_WRONLY);
    pid_t child;

    if (argc < 2 || nowhere < 0 || (child = fork()) < 0)
        return EXIT_FAILURE;
    if (child == 0) {
        dup2(nowhere, STDOUT_FILENO);
        dup2(nowhere, STDERR_FILENO);
        execvp(argv[1], argv + 1);
        _exit(127);
    }
    if (waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) == 127 ||
        getrusage(RUSAGE_CHILDREN, &used) != 0)
        return EXIT_FAILURE;
    printf("%.2f s %ld MiB\n", seconds(used.ru_utime) + seconds(used.ru_stime), used.ru_maxrss / 1024);
    return EXIT_SUCCESS;
}
