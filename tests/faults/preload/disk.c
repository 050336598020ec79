/*
 * A disk between a program and its files: records every change below one folder, and fails on demand.
 *
 * Loaded with LD_PRELOAD, it stands before the functions of the C library by which a program changes files. Calls on
 * anything outside the watched folder pass through untouched. What is set by the environment:
 *
 *   SWAPCALL_DISK_ROOT     the watched folder, absolute, without symbolic links
 *   SWAPCALL_DISK_LOG      where changes are recorded (outside the folder); absent: nothing is recorded
 *   SWAPCALL_DISK_CONTROL  a file of 16 words of 64 bits, mapped, by which the test switches faults (see enum word)
 *
 * The log is a row of records: struct head, then `first` bytes and `second` bytes (paths below the folder, or data).
 * Each is one write() to a file opened with O_APPEND, so that other processes may append marks of their own between
 * them. A change is carried out and recorded under one lock: the order of the log is the order of the changes, and a
 * sync stands in the log before the program hears that it is done.
 *
 * Not wrapped, because the hub does not use it: writing through mmap, io_uring, system calls past the C library. The
 * test compares the folder rebuilt from the log with the real one, which finds whatever escapes.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

/* Kinds of records; oplog.rs knows the same numbers. 1 is the mark, which only the test writes. */
enum kind {
    FILE_MADE = 2, FOLDER_MADE, FILE_REMOVED, FOLDER_REMOVED, RENAMED, LINKED,
    WRITTEN, RESIZED, FILE_SYNCED, FOLDER_SYNCED, SYNC_FAILED, STARTED
};

/* Words of the control file; preload.rs knows the same places. Counts of errors: how many come, all ones = for ever. */
enum word {
    NO_SPACE,     /* not 0: a file grows by no more than ROOM bytes in all, then ENOSPC */
    ROOM,         /* bytes left on the full disk */
    SYNC_ERRORS,  /* fsync and fdatasync answer EIO */
    WRITE_ERRORS, /* writes answer EIO */
    READ_ONLY,    /* everything that changes answers EROFS */
    SYNC_DELAY,   /* milliseconds that each fsync and fdatasync takes more */
    LIE,          /* fsync and fdatasync answer 0 and do nothing; nothing is recorded */
    LIE_FOLDERS,  /* the same for folders only */
    RANGE_ERRORS, /* sync_file_range answers EIO */
    HITS,         /* counted up here: how many calls a fault has met */
    KILL,         /* not 0: the program is killed right behind so many more records of the log */
    WORDS = 16
};

struct head {
    uint32_t kind, first, second, unused;
    uint64_t file;   /* inode number */
    uint64_t at;     /* offset of the data, or the new size */
};

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static char root[PATH_MAX];
static size_t root_length;
static int log_file = -1;
static volatile uint64_t *control;

#define REAL(name) ((__typeof__(&name))real(#name))
static void *real(const char *name) {
    void *found = dlsym(RTLD_NEXT, name);
    if (!found) abort();
    return found;
}

static int fail(int error) {
    if (control) __sync_fetch_and_add(&control[HITS], 1);
    errno = error;
    return -1;
}

static int is_set(enum word word) { return control && control[word]; }

/* Takes one of the errors that are to come. */
static int due(enum word word) {
    if (!is_set(word)) return 0;
    if (control[word] != UINT64_MAX) __sync_fetch_and_sub(&control[word], 1);
    return 1;
}

/* The place below the watched folder, or NULL. The folder itself is "". */
static const char *below(const char *path) {
    if (!root_length || strncmp(path, root, root_length)) return NULL;
    if (path[root_length] == 0) return "";
    return path[root_length] == '/' ? path + root_length + 1 : NULL;
}

static const char *below_at(int folder, const char *path, char *whole) {
    char place[64];
    if (path[0] == '/') return snprintf(whole, PATH_MAX, "%s", path) < PATH_MAX ? below(whole) : NULL;
    if (folder == AT_FDCWD) snprintf(place, sizeof place, "/proc/self/cwd");
    else snprintf(place, sizeof place, "/proc/self/fd/%d", folder);
    ssize_t length = readlink(place, whole, PATH_MAX - 1);
    if (length < 0) return NULL;
    snprintf(whole + length, PATH_MAX - length, "/%s", path);
    return below(whole);
}

/* The place of an open file or folder below the watched folder, or NULL; and what it is. */
static const char *below_open(int file, char *whole, struct stat *what) {
    if (!root_length || fstat(file, what) || !(S_ISREG(what->st_mode) || S_ISDIR(what->st_mode))) return NULL;
    char place[64];
    snprintf(place, sizeof place, "/proc/self/fd/%d", file);
    ssize_t length = readlink(place, whole, PATH_MAX - 1);
    if (length < 0) return NULL;
    whole[length] = 0;
    return below(whole);
}

static void record(enum kind kind, const void *first, size_t first_length, const void *second, size_t second_length,
                   uint64_t file, uint64_t at) {
    if (log_file < 0) return;
    int before = errno;
    struct head head = {kind, first_length, second_length, 0, file, at};
    struct iovec parts[3] = {{&head, sizeof head}, {(void *)first, first_length}, {(void *)second, second_length}};
    ssize_t wanted = sizeof head + first_length + second_length;
    if (REAL(writev)(log_file, parts, 3) != wanted) abort();
    if (kind != STARTED && is_set(KILL) && !__sync_sub_and_fetch(&control[KILL], 1)) kill(getpid(), SIGKILL);
    errno = before;
}

static void record_name(enum kind kind, const char *name, uint64_t file) {
    record(kind, name, strlen(name), NULL, 0, file, 0);
}

__attribute__((constructor)) static void begin(void) {
    const char *folder = getenv("SWAPCALL_DISK_ROOT");
    const char *log_path = getenv("SWAPCALL_DISK_LOG"), *control_path = getenv("SWAPCALL_DISK_CONTROL");
    if (!folder) return;
    if (control_path) {
        int file = REAL(open)(control_path, O_RDWR | O_CLOEXEC);
        void *words = mmap(NULL, WORDS * sizeof *control, PROT_READ | PROT_WRITE, MAP_SHARED, file, 0);
        if (words == MAP_FAILED) abort();
        control = words;
    }
    if (log_path) {
        log_file = REAL(open)(log_path, O_WRONLY | O_APPEND | O_CLOEXEC);
        if (log_file < 0) abort();
    }
    root_length = strlen(folder);
    memcpy(root, folder, root_length + 1);
    record(STARTED, NULL, 0, NULL, 0, getpid(), 0);
}

/* open and its kin */

static int open_any(int folder, const char *path, int flags, mode_t mode) {
    char whole[PATH_MAX];
    const char *place = below_at(folder, path, whole);
    int changes = (flags & O_ACCMODE) != O_RDONLY || (flags & (O_CREAT | O_TRUNC));
    if (!place || !changes) return REAL(openat)(folder, path, flags, mode);
    if ((flags & O_TMPFILE) == O_TMPFILE) return fail(EOPNOTSUPP);
    if (is_set(READ_ONLY)) return fail(EROFS);
    pthread_mutex_lock(&lock);
    struct stat before, after;
    int existed = !fstatat(folder, path, &before, 0);
    int file = REAL(openat)(folder, path, flags, mode);
    if (file >= 0 && !fstat(file, &after)) {
        if (!existed) record_name(FILE_MADE, place, after.st_ino);
        else if ((flags & O_TRUNC) && before.st_size) record(RESIZED, NULL, 0, NULL, 0, after.st_ino, 0);
    }
    pthread_mutex_unlock(&lock);
    return file;
}

/* The mode stands behind the flags only where a file may be made. */
#define OPENS(name, folder, ...) int name(__VA_ARGS__, ...) { \
    mode_t mode = 0; \
    if (flags & O_CREAT) { va_list rest; va_start(rest, flags); mode = va_arg(rest, mode_t); va_end(rest); } \
    return open_any(folder, path, flags, mode); \
}
OPENS(open, AT_FDCWD, const char *path, int flags)
OPENS(open64, AT_FDCWD, const char *path, int flags)
OPENS(openat, folder, int folder, const char *path, int flags)
OPENS(openat64, folder, int folder, const char *path, int flags)
int creat(const char *path, mode_t mode) { return open_any(AT_FDCWD, path, O_CREAT | O_WRONLY | O_TRUNC, mode); }
int creat64(const char *path, mode_t mode) { return creat(path, mode); }

/* Writing. `at` is the place in the file, or -1 for the file's own position. */

/* How many of `count` bytes a full disk takes; what lies in the file already can be written over. */
static size_t room_for(const struct stat *what, uint64_t from, size_t count) {
    uint64_t size = what->st_size, end = from + count;
    uint64_t grows = end > size ? end - (from > size ? from : size) : 0;
    if (!is_set(NO_SPACE) || !grows) return count;
    uint64_t room = control[ROOM], taken = grows < room ? grows : room;
    control[ROOM] = room - taken;
    return count - (grows - taken);
}

static ssize_t write_any(int file, const void *bytes, size_t count, off_t at) {
    char whole[PATH_MAX];
    struct stat what;
    if (!below_open(file, whole, &what))
        return at < 0 ? REAL(write)(file, bytes, count) : REAL(pwrite)(file, bytes, count, at);
    if (is_set(READ_ONLY)) return fail(EROFS);
    if (due(WRITE_ERRORS)) return fail(EIO);
    pthread_mutex_lock(&lock);
    ssize_t written = -1;
    fstat(file, &what);
    int appends = fcntl(file, F_GETFL) & O_APPEND;
    off_t from = at >= 0 ? at : appends ? what.st_size : lseek(file, 0, SEEK_CUR);
    size_t taken = room_for(&what, from, count);
    if (count && !taken) {
        fail(ENOSPC);
    } else {
        written = at < 0 ? REAL(write)(file, bytes, taken) : REAL(pwrite)(file, bytes, taken, at);
        if (written > 0) record(WRITTEN, NULL, 0, bytes, written, what.st_ino, from);
    }
    pthread_mutex_unlock(&lock);
    return written;
}

/* A short count is a good answer to a write in parts: the caller comes again with the rest. */
static ssize_t write_parts(int file, const struct iovec *parts, int count, off_t at) {
    int first = 0;
    while (first < count && !parts[first].iov_len) first++;
    return first == count ? 0 : write_any(file, parts[first].iov_base, parts[first].iov_len, at);
}

static int is_watched(int file) {
    char whole[PATH_MAX];
    struct stat what;
    return below_open(file, whole, &what) != NULL;
}

ssize_t write(int file, const void *bytes, size_t count) { return write_any(file, bytes, count, -1); }
ssize_t pwrite(int file, const void *bytes, size_t count, off_t at) { return write_any(file, bytes, count, at); }
ssize_t pwrite64(int file, const void *bytes, size_t count, off64_t at) { return write_any(file, bytes, count, at); }
ssize_t writev(int file, const struct iovec *parts, int count) {
    return is_watched(file) ? write_parts(file, parts, count, -1) : REAL(writev)(file, parts, count);
}
ssize_t pwritev(int file, const struct iovec *parts, int count, off_t at) {
    return is_watched(file) ? write_parts(file, parts, count, at) : REAL(pwritev)(file, parts, count, at);
}
ssize_t pwritev64(int file, const struct iovec *parts, int count, off64_t at) { return pwritev(file, parts, count, at); }
ssize_t pwritev2(int file, const struct iovec *parts, int count, off_t at, int flags) {
    return is_watched(file) ? write_parts(file, parts, count, at) : REAL(pwritev2)(file, parts, count, at, flags);
}
ssize_t pwritev64v2(int file, const struct iovec *parts, int count, off64_t at, int flags) { return pwritev2(file, parts, count, at, flags); }

/* Copies inside the kernel are refused for the folder; callers then read and write. */
ssize_t copy_file_range(int in, off64_t *in_at, int out, off64_t *out_at, size_t count, unsigned flags) {
    if (is_watched(out)) { errno = EXDEV; return -1; }
    return REAL(copy_file_range)(in, in_at, out, out_at, count, flags);
}
ssize_t sendfile(int out, int in, off_t *at, size_t count);
ssize_t sendfile(int out, int in, off_t *at, size_t count) {
    if (is_watched(out)) { errno = EINVAL; return -1; }
    return REAL(sendfile)(out, in, at, count);
}
ssize_t sendfile64(int out, int in, off64_t *at, size_t count);
ssize_t sendfile64(int out, int in, off64_t *at, size_t count) { return sendfile(out, in, at, count); }

/* Sizes. */

static int resize(int file, off_t size, int only_larger) {
    char whole[PATH_MAX];
    struct stat what;
    if (!below_open(file, whole, &what)) return REAL(ftruncate)(file, size);
    if (is_set(READ_ONLY)) return fail(EROFS);
    pthread_mutex_lock(&lock);
    int result = -1;
    fstat(file, &what);
    if (only_larger && size <= what.st_size) {
        result = 0;
    } else if (only_larger && room_for(&what, what.st_size, size - what.st_size) < (size_t)(size - what.st_size)) {
        fail(ENOSPC);
    } else {
        result = REAL(ftruncate)(file, size);
        if (!result) record(RESIZED, NULL, 0, NULL, 0, what.st_ino, size);
    }
    pthread_mutex_unlock(&lock);
    return result;
}

int ftruncate(int file, off_t size) { return resize(file, size, 0); }
int ftruncate64(int file, off64_t size) { return resize(file, size, 0); }
int fallocate(int file, int mode, off_t at, off_t length) {
    if (!is_watched(file)) return REAL(fallocate)(file, mode, at, length);
    if (mode) { errno = EOPNOTSUPP; return -1; }
    return resize(file, at + length, 1);
}
int fallocate64(int file, int mode, off64_t at, off64_t length) { return fallocate(file, mode, at, length); }
int posix_fallocate(int file, off_t at, off_t length) {
    if (!is_watched(file)) return REAL(posix_fallocate)(file, at, length);
    return resize(file, at + length, 1) ? errno : 0;
}
int posix_fallocate64(int file, off64_t at, off64_t length) { return posix_fallocate(file, at, length); }

/* Syncs. */

static int sync_any(int file, int (*real_sync)(int)) {
    char whole[PATH_MAX];
    struct stat what;
    const char *place = below_open(file, whole, &what);
    if (!place) return real_sync(file);
    if (is_set(SYNC_DELAY)) {
        struct timespec pause = {control[SYNC_DELAY] / 1000, control[SYNC_DELAY] % 1000 * 1000000};
        __sync_fetch_and_add(&control[HITS], 1);
        nanosleep(&pause, NULL);
    }
    int folder = S_ISDIR(what.st_mode);
    if (is_set(LIE) || (folder && is_set(LIE_FOLDERS))) { __sync_fetch_and_add(&control[HITS], 1); return 0; }
    pthread_mutex_lock(&lock);
    int result = due(SYNC_ERRORS) ? fail(EIO) : real_sync(file);
    if (result) record(SYNC_FAILED, place, strlen(place), NULL, 0, what.st_ino, 0);
    else record(folder ? FOLDER_SYNCED : FILE_SYNCED, place, strlen(place), NULL, 0, what.st_ino, 0);
    pthread_mutex_unlock(&lock);
    return result;
}

int fsync(int file) { return sync_any(file, REAL(fsync)); }
int fdatasync(int file) { return sync_any(file, REAL(fdatasync)); }
/* Promises nothing about the disk's own cache or the file's size, so it is never recorded as a sync. */
int sync_file_range(int file, off64_t at, off64_t count, unsigned flags) {
    if (is_set(RANGE_ERRORS) && is_watched(file) && due(RANGE_ERRORS)) return fail(EIO);
    return REAL(sync_file_range)(file, at, count, flags);
}

/* Names. */

static int name_any(enum kind kind, int folder, const char *path, mode_t mode, int flags) {
    char whole[PATH_MAX];
    const char *place = below_at(folder, path, whole);
    if (place && is_set(READ_ONLY)) return fail(EROFS);
    if (place && kind == FOLDER_MADE && is_set(NO_SPACE)) {
        struct stat there;
        return fail(fstatat(folder, path, &there, 0) ? ENOSPC : EEXIST);
    }
    if (place) pthread_mutex_lock(&lock);
    int result = kind == FOLDER_MADE ? REAL(mkdirat)(folder, path, mode) : REAL(unlinkat)(folder, path, flags);
    if (place && !result) record_name(kind, place, 0);
    if (place) pthread_mutex_unlock(&lock);
    return result;
}

int mkdir(const char *path, mode_t mode) { return name_any(FOLDER_MADE, AT_FDCWD, path, mode, 0); }
int mkdirat(int folder, const char *path, mode_t mode) { return name_any(FOLDER_MADE, folder, path, mode, 0); }
int rmdir(const char *path) { return name_any(FOLDER_REMOVED, AT_FDCWD, path, 0, AT_REMOVEDIR); }
int unlink(const char *path) { return name_any(FILE_REMOVED, AT_FDCWD, path, 0, 0); }
int unlinkat(int folder, const char *path, int flags) {
    return name_any(flags & AT_REMOVEDIR ? FOLDER_REMOVED : FILE_REMOVED, folder, path, 0, flags);
}
int remove(const char *path) {
    int result = unlink(path);
    return result && (errno == EISDIR || errno == EPERM) ? rmdir(path) : result;
}

static int two_names(enum kind kind, int from_folder, const char *from, int to_folder, const char *to, unsigned flags) {
    char one[PATH_MAX], other[PATH_MAX];
    const char *source = below_at(from_folder, from, one), *target = below_at(to_folder, to, other);
    if ((source || target) && is_set(READ_ONLY)) return fail(EROFS);
    /* What crosses the border, or swaps two names, could not be rebuilt. */
    if (!source != !target) return fail(EXDEV);
    if (source && kind == RENAMED && (flags & RENAME_EXCHANGE)) return fail(EINVAL);
    if (source) pthread_mutex_lock(&lock);
    int result = kind == RENAMED ? REAL(renameat2)(from_folder, from, to_folder, to, flags)
                                 : REAL(linkat)(from_folder, from, to_folder, to, flags);
    if (source && !result) record(kind, source, strlen(source), target, strlen(target), 0, 0);
    if (source) pthread_mutex_unlock(&lock);
    return result;
}

int rename(const char *from, const char *to) { return two_names(RENAMED, AT_FDCWD, from, AT_FDCWD, to, 0); }
int renameat(int a, const char *from, int b, const char *to) { return two_names(RENAMED, a, from, b, to, 0); }
int renameat2(int a, const char *from, int b, const char *to, unsigned flags) { return two_names(RENAMED, a, from, b, to, flags); }
int link(const char *from, const char *to) { return two_names(LINKED, AT_FDCWD, from, AT_FDCWD, to, 0); }
int linkat(int a, const char *from, int b, const char *to, int flags) { return two_names(LINKED, a, from, b, to, flags); }
