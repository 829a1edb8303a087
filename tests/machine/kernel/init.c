/*
 * The whole of the initial RAM disk's work: load the modules that the disk needs, in the order of /order, mount the
 * disk, start the second processor and hand over to its init. Any failure ends the guest with its reason on the console.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mount.h>
#include <sys/reboot.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static void must(int ok, const char *what)
{
	if (ok)
		return;
	dprintf(2, "initial RAM disk: %s: %s\n", what, strerror(errno));
	sync();
	reboot(RB_POWER_OFF);
}

static void load(const char *name)
{
	char path[128];
	int fd;

	snprintf(path, sizeof(path), "/%s.ko", name);
	fd = open(path, O_RDONLY | O_CLOEXEC);
	must(fd >= 0 && !syscall(SYS_finit_module, fd, "", 0), path);
	close(fd);
}

/*
 * The kernel's line holds it back until here: in its own start the kernel patches code that runs on every processor
 * (the static keys of the clock), and the emulator now and then lets the other one run into it half-written.
 */
static void start_second_processor(void)
{
	int fd;

	mkdir("/sys", 0755);
	must(!mount("sysfs", "/sys", "sysfs", MS_NOSUID, NULL), "/sys");
	fd = open("/sys/devices/system/cpu/cpu1/online", O_WRONLY | O_CLOEXEC);
	must(fd >= 0 && write(fd, "1", 1) == 1, "the second processor");
	close(fd);
	must(!umount2("/sys", MNT_DETACH), "leaving /sys");
}

int main(void)
{
	char name[64];
	FILE *order = fopen("/order", "r");
	int tries = 100;

	mkdir("/dev", 0755);
	mkdir("/root", 0755);
	must(!mount("devtmpfs", "/dev", "devtmpfs", MS_NOSUID, "mode=0755"), "/dev");
	must(!!order, "/order");
	while (fscanf(order, "%63s", name) == 1)
		load(name);
	fclose(order);
	while (mount("/dev/vda", "/root", "ext4", 0, "") && --tries)
		usleep(50000); /* the disk appears a moment after its driver */
	must(tries > 0, "/dev/vda");
	start_second_processor();
	must(!mount("/dev", "/root/dev", NULL, MS_MOVE, NULL), "moving /dev");
	must(!chdir("/root") && !mount(".", "/", NULL, MS_MOVE, NULL) && !chroot(".") && !chdir("/"), "moving the root");
	execl("/sbin/init", "init", (char *)NULL);
	must(0, "/sbin/init");
	return 1;
}
