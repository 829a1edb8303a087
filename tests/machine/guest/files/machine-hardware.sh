#!/bin/sh
# What a Raspberry Pi's kernel finds by itself: key and lamp lines, the board's revision, the composite encoder.
set -e
modprobe -a gpio-sim configfs uinput
mountpoint -q /sys/kernel/config || mount -t configfs configfs /sys/kernel/config
pi=/sys/kernel/config/gpio-sim/pi
if [ ! -d $pi ]; then
	lines="0 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27"
	folders=
	for n in $lines; do folders="$folders $pi/b/line$n"; done
	mkdir $pi $pi/b $folders
	echo 54 > $pi/b/num_lines
	echo pinctrl-bcm2711 > $pi/b/label
	for n in $lines; do echo GPIO$n > $pi/b/line$n/name; done
	echo 1 > $pi/live
fi
if ! grep -q ^Revision /proc/cpuinfo; then
	{ cat /proc/cpuinfo; printf 'Revision\t: c03114\nModel\t\t: Raspberry Pi 4 Model B Rev 1.4\n'; } > /run/cpuinfo
	mount --bind /run/cpuinfo /proc/cpuinfo
fi
# What comes by itself when udev goes through the devices; the box may ask for it before.
modprobe -q vc4 || true
