/* SPDX-License-Identifier: GPL-2.0 */
/*
 * A composite encoder without hardware, for tests: one card, one plane, one CRTC, one encoder, one connector of type
 * Composite with the kernel's own "TV mode" property. It puts nothing on any lead. What it has of a real one:
 *
 * - the encoder's bounds: clock, widths, totals, porches, and which TV mode goes with which line length. They are
 *   checked in the encoder's atomic_check, so a modeline from user space meets them however it is asked for;
 * - the field clock: a high resolution timer armed at start + n * field time, reckoned anew for each n, so that it
 *   never drifts, and time stamps that say when the field should have begun and not when the timer came;
 * - one vertical blanking and one flip a field, in the interlaced modes too;
 * - a log in debugfs (<debugfs>/dri/N/fields) of the last 4096 fields: what was latched for each.
 */
#ifndef LEAD_H
#define LEAD_H

#include <linux/hrtimer.h>
#include <drm/drm_connector.h>
#include <drm/drm_crtc.h>
#include <drm/drm_device.h>
#include <drm/drm_encoder.h>
#include <drm/drm_plane.h>

#define CLOCK_KHZ 13500
#define LOG_FIELDS 4096

/* What the plane shows: enough to find the pixels again. */
struct picture {
	u32 fb, offset, pitch, x, y;
};

struct field {
	u64 number;
	s64 stamp;
	struct picture picture;
	bool late; /* the timer came after the next field had already begun */
};

struct lead {
	struct drm_device drm;
	struct drm_plane plane;
	struct drm_crtc crtc;
	struct drm_encoder encoder;
	struct drm_connector connector;
	struct hrtimer timer;
	/* The rest is held by drm.event_lock. */
	u64 samples;      /* of one field, or of two when interlaced */
	u32 fields;       /* in that many samples: 1 or 2 */
	ktime_t start;
	u64 number;       /* of the field being scanned, from the start */
	ktime_t stamp;
	struct picture pending, latched;
	u64 logged;
	struct field *log;
};

#define to_lead(d) container_of(d, struct lead, drm)

/* Every TV mode that the encoder knows. */
#define TV(name) BIT(DRM_MODE_TV_MODE_##name)
#define EVERY_TV_MODE \
	(TV(NTSC) | TV(NTSC_443) | TV(NTSC_J) | TV(PAL) | TV(PAL_M) | TV(PAL_N) | TV(SECAM) | TV(MONOCHROME))

/* clock.c */
int make_clock(struct lead *lead);
void start_clock(struct lead *lead, const struct drm_display_mode *mode);
void stop_clock(struct lead *lead);
bool get_stamp(struct drm_crtc *crtc, int *max_error, ktime_t *stamp, bool in_irq);

/* pipe.c */
int make_pipe(struct lead *lead);

/* encoder.c */
int make_encoder(struct lead *lead);

/* connector.c */
int make_connector(struct lead *lead);

#endif
