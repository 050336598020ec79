/*
 * A clock that runs so many times as fast as life, for one process: what it reads of the time, and how long it waits.
 *
 * Loaded with LD_PRELOAD. Wall clocks show what they would had they begun to run fast at a certain moment, so that
 * processes that start later agree; steady clocks count so many times as many nanoseconds. A wait of a minute is over in
 * the part of a minute that it then lasts. Work takes as long as ever: to the process its machine is so much slower.
 * What is set by the environment:
 *
 *   SWAPCALL_PACE       "BEGAN SHOWN RATE": at the true time BEGAN (nanoseconds since 1970) wall clocks showed SHOWN, and
 *                       have gone RATE times as fast since
 *   SWAPCALL_PACE_WALL  set: only wall clocks; for a hub, which has --clock-rate for the rest (it reads steady time past
 *                       the C library)
 *
 * Wrapped are the waits that `swapcall watch` was seen to make (strace -f): epoll_wait, poll, futex (through syscall()),
 * nanosleep and clock_nanosleep, and the time limits of sockets.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <linux/futex.h>
#include <poll.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

typedef long long nanos;
#define SECOND 1000000000LL

static nanos began, shown, rate = 1;
static int wall_only;

#define REAL(name) ((__typeof__(&name))real(#name))
static void *real(const char *name) {
    void *found = dlsym(RTLD_NEXT, name);
    if (!found) abort();
    return found;
}

__attribute__((constructor)) static void begin(void) {
    const char *pace = getenv("SWAPCALL_PACE");
    if (pace && sscanf(pace, "%lld %lld %lld", &began, &shown, &rate) != 3) abort();
    wall_only = getenv("SWAPCALL_PACE_WALL") != NULL;
}

static nanos in_nanos(const struct timespec *time) { return time->tv_sec * SECOND + time->tv_nsec; }
static struct timespec in_spec(nanos time) { return (struct timespec){time / SECOND, time % SECOND}; }
static int is_wall(clockid_t clock) { return clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE; }
static int is_steady(clockid_t clock) {
    return clock == CLOCK_MONOTONIC || clock == CLOCK_MONOTONIC_COARSE || clock == CLOCK_MONOTONIC_RAW || clock == CLOCK_BOOTTIME;
}

/* How fast waits and steady clocks go. */
static nanos steady_rate(void) { return wall_only ? 1 : rate; }

/* A length of time as it really lasts: at least a moment, or a loop that waits would spin. */
static nanos lasts(nanos time) { return time <= 0 ? 0 : (time + steady_rate() - 1) / steady_rate(); }

/* The true moment at which a clock shows this. */
static nanos moment(clockid_t clock, nanos time) {
    return is_wall(clock) ? began + (time - shown + rate - 1) / rate : (time + steady_rate() - 1) / steady_rate();
}

int clock_gettime(clockid_t clock, struct timespec *at) {
    int failed = (int)REAL(syscall)(SYS_clock_gettime, clock, at);
    if (failed || !began) return failed;
    if (is_wall(clock)) *at = in_spec(shown + (in_nanos(at) - began) * rate);
    else if (is_steady(clock)) *at = in_spec(in_nanos(at) * steady_rate());
    return 0;
}

int gettimeofday(struct timeval *restrict at, void *restrict zone) {
    struct timespec now;
    (void)zone;
    if (clock_gettime(CLOCK_REALTIME, &now)) return -1;
    *at = (struct timeval){now.tv_sec, now.tv_nsec / 1000};
    return 0;
}

time_t time(time_t *into) {
    struct timespec now;
    if (clock_gettime(CLOCK_REALTIME, &now)) return (time_t)-1;
    if (into) *into = now.tv_sec;
    return now.tv_sec;
}

/* Waits. Milliseconds are too coarse for what is left of them, so the kinds that take nanoseconds are called. */

int epoll_wait(int file, struct epoll_event *events, int most, int timeout) {
    struct timespec limit = in_spec(lasts(timeout * 1000000LL));
    return (int)REAL(syscall)(SYS_epoll_pwait2, file, events, most, timeout < 0 ? NULL : &limit, NULL, 8);
}

int poll(struct pollfd *files, nfds_t count, int timeout) {
    struct timespec limit = in_spec(lasts(timeout * 1000000LL));
    return REAL(ppoll)(files, count, timeout < 0 ? NULL : &limit, NULL);
}

int clock_nanosleep(clockid_t clock, int flags, const struct timespec *time, struct timespec *left) {
    int absolute = flags & TIMER_ABSTIME;
    struct timespec limit = in_spec(absolute ? moment(clock, in_nanos(time)) : lasts(in_nanos(time)));
    int failed = REAL(clock_nanosleep)(clock, flags, &limit, left);
    if (failed == EINTR && left && !absolute) *left = in_spec(in_nanos(left) * steady_rate());
    return failed;
}

int nanosleep(const struct timespec *time, struct timespec *left) {
    errno = clock_nanosleep(CLOCK_MONOTONIC, 0, time, left);
    return errno ? -1 : 0;
}

int setsockopt(int file, int level, int option, const void *value, socklen_t length) {
    struct timeval limit;
    if (level == SOL_SOCKET && (option == SO_RCVTIMEO || option == SO_SNDTIMEO) && length == sizeof limit) {
        const struct timeval *given = value;
        nanos time = lasts(given->tv_sec * SECOND + given->tv_usec * 1000LL);
        limit = (struct timeval){time / SECOND, (time % SECOND + 999) / 1000};
        value = &limit;
    }
    return REAL(setsockopt)(file, level, option, value, length);
}

/* Rust waits for its locks by a bare system call: FUTEX_WAIT for a length of time, FUTEX_WAIT_BITSET until a moment. */
long syscall(long number, ...) {
    long words[6];
    va_list rest;
    va_start(rest, number);
    for (int word = 0; word < 6; word++) words[word] = va_arg(rest, long);
    va_end(rest);
    struct timespec limit;
    if (number == SYS_futex && words[3]) {
        const struct timespec *given = (const struct timespec *)words[3];
        int kind = (int)words[1] & FUTEX_CMD_MASK;
        clockid_t clock = words[1] & FUTEX_CLOCK_REALTIME ? CLOCK_REALTIME : CLOCK_MONOTONIC;
        if (kind == FUTEX_WAIT) limit = in_spec(lasts(in_nanos(given)));
        if (kind == FUTEX_WAIT_BITSET) limit = in_spec(moment(clock, in_nanos(given)));
        if (kind == FUTEX_WAIT || kind == FUTEX_WAIT_BITSET) words[3] = (long)&limit;
    }
    return REAL(syscall)(number, words[0], words[1], words[2], words[3], words[4], words[5]);
}
