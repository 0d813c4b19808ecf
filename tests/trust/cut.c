/* Preloaded into a program that writes a journal: keeps a log of all that the program asks of the
   disk for the journal's files, in order, and of what it writes to its standard output. On request one
   of those calls fails, once.

   SMOKEJOURNAL_CUT_FOLDER  the journal's folder, absolute and without links
   SMOKEJOURNAL_CUT_LOG     the log; tests/trust/record.py reads it
   SMOKEJOURNAL_CUT_FAIL    which write, truncation or sync fails (from 1); none without it
   SMOKEJOURNAL_CUT_ERRNO   the error's number

   One lock is held over each call and its line in the log, so the log has them in the order in which
   the system had them. The -shm file is left out: it is made anew after a power cut. */

#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static const char *folder;
static int log_file = -1;
static long calls, fail_at;
static int fail_with;

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

__attribute__((constructor)) static void begin(void) {
    const char *log = getenv("SMOKEJOURNAL_CUT_LOG");
    const char *at = getenv("SMOKEJOURNAL_CUT_FAIL"), *with = getenv("SMOKEJOURNAL_CUT_ERRNO");
    folder = getenv("SMOKEJOURNAL_CUT_FOLDER");
    if (!folder || !log) return;
    fail_at = at ? atol(at) : 0;
    fail_with = with ? atoi(with) : EIO;
    log_file = open(log, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    if (log_file < 0) {
        perror(log);
        _exit(70);
    }
}

static void put(const void *bytes, size_t count) {
    const char *left = bytes;
    while (count) {
        ssize_t done = REAL(write)(log_file, left, count);
        if (done < 0) {
            if (errno == EINTR) continue;
            perror("the log of the disk");
            _exit(70);
        }
        left += done;
        count -= (size_t)done;
    }
}

/* kind, length of the path, offset, length of the data; then path and data. All in the machine's own
   order of bytes. */
static void say(char kind, const char *path, uint64_t offset, const void *data, uint64_t count) {
    int before = errno;
    uint64_t head[4] = {(uint64_t)kind, strlen(path), offset, count};
    put(head, sizeof head);
    put(path, strlen(path));
    put(data, count);
    errno = before;
}

static int ends_with(const char *text, const char *ending) {
    size_t have = strlen(text), want = strlen(ending);
    return have >= want && !strcmp(text + have - want, ending);
}

static int is_ours(const char *path) {
    static const char name[] = "/journal.sqlite";
    size_t length = strlen(folder);
    return !strncmp(path, folder, length) && !strncmp(path + length, name, sizeof name - 1) &&
           !ends_with(path, "-shm") && !ends_with(path, " (deleted)");
}

/* The path of an open file of the journal, or of its folder; 0 for any other. */
static int path_of(int file, char *path) {
    int before = errno;
    char link[64];
    if (log_file < 0 || file < 0) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    errno = before;
    if (length < 0) return 0;
    path[length] = 0;
    return is_ours(path) || !strcmp(path, folder);
}

static int fails(void) {
    if (++calls != fail_at) return 0;
    errno = fail_with;
    return 1;
}

static ssize_t written(int file, const void *data, size_t count, int64_t offset, int at_offset) {
    char path[PATH_MAX];
    ssize_t done;
    if (log_file >= 0 && file == STDOUT_FILENO && !at_offset) {
        pthread_mutex_lock(&lock);
        done = REAL(write)(file, data, count);
        if (done > 0) say('A', "", 0, data, (uint64_t)done);
        pthread_mutex_unlock(&lock);
        return done;
    }
    if (!path_of(file, path))
        return at_offset ? REAL(pwrite)(file, data, count, offset) : REAL(write)(file, data, count);
    pthread_mutex_lock(&lock);
    if (!at_offset) offset = lseek(file, 0, SEEK_CUR);
    if (fails())
        done = -1;
    else if ((done = at_offset ? REAL(pwrite)(file, data, count, offset)
                               : REAL(write)(file, data, count)) > 0)
        say('W', path, (uint64_t)offset, data, (uint64_t)done);
    pthread_mutex_unlock(&lock);
    return done;
}

ssize_t write(int file, const void *data, size_t count) { return written(file, data, count, 0, 0); }

ssize_t pwrite(int file, const void *data, size_t count, off_t offset) {
    return written(file, data, count, offset, 1);
}

static int truncated(int file, int64_t length) {
    char path[PATH_MAX];
    int result = -1;
    if (!path_of(file, path)) return REAL(ftruncate)(file, length);
    pthread_mutex_lock(&lock);
    if (!fails() && !(result = REAL(ftruncate)(file, length)))
        say('T', path, (uint64_t)length, "", 0);
    pthread_mutex_unlock(&lock);
    return result;
}

int ftruncate(int file, off_t length) { return truncated(file, length); }

#ifdef __GLIBC__
ssize_t pwrite64(int file, const void *data, size_t count, off64_t offset) {
    return written(file, data, count, offset, 1);
}

int ftruncate64(int file, off64_t length) { return truncated(file, length); }
#endif

static int synced(int file, int (*really)(int)) {
    char path[PATH_MAX];
    int result = -1;
    if (!path_of(file, path)) return really(file);
    pthread_mutex_lock(&lock);
    if (!fails()) result = really(file);
    say(result ? 'F' : 'S', path, 0, "", 0);
    pthread_mutex_unlock(&lock);
    return result;
}

int fsync(int file) { return synced(file, REAL(fsync)); }

int fdatasync(int file) { return synced(file, REAL(fdatasync)); }

int unlink(const char *path) {
    if (log_file < 0 || !is_ours(path)) return REAL(unlink)(path);
    pthread_mutex_lock(&lock);
    int result = REAL(unlink)(path);
    if (!result) say('U', path, 0, "", 0);
    pthread_mutex_unlock(&lock);
    return result;
}

int rename(const char *from, const char *to) {
    if (log_file < 0 || !is_ours(from)) return REAL(rename)(from, to);
    pthread_mutex_lock(&lock);
    int result = REAL(rename)(from, to);
    if (!result) say('R', from, 0, to, strlen(to));
    pthread_mutex_unlock(&lock);
    return result;
}
