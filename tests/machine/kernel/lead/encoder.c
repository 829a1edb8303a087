// SPDX-License-Identifier: GPL-2.0
/* The encoder: the bounds of a modeline, and which TV modes go with it. */
#include <linux/module.h>
#include <drm/drm_atomic.h>
#include <drm/drm_modeset_helper_vtables.h>
#include "lead.h"

static bool exact_totals;
module_param(exact_totals, bool, 0644);
MODULE_PARM_DESC(exact_totals, "take progressive modes of exactly 262 or 312 lines only");

/* What one field may be, for each of the two line lengths. */
struct bounds {
	int htotal, vtotal, vdisplay, back_porch;
	u32 tv_modes;
};

static const struct bounds line_lengths[] = {
	{ 858, 262, 253, 4, TV(NTSC) | TV(NTSC_443) | TV(NTSC_J) | TV(PAL) | TV(PAL_M) | TV(MONOCHROME) },
	{ 864, 312, 305, 2, TV(PAL) | TV(PAL_N) | TV(SECAM) | TV(MONOCHROME) },
};

static bool field_fits(const struct bounds *b, const struct drm_display_mode *mode)
{
	int fields = mode->flags & DRM_MODE_FLAG_INTERLACE ? 2 : 1;
	int vdisplay = mode->vdisplay / fields, start = mode->vsync_start / fields;
	int end = mode->vsync_end / fields, vtotal = mode->vtotal / fields;

	if (exact_totals && fields == 1 && vtotal != b->vtotal)
		return false;
	return vtotal <= b->vtotal && vdisplay >= 1 && vdisplay <= b->vdisplay && start - vdisplay >= 1 &&
	       end - start == 3 && vtotal - end >= b->back_porch;
}

static int encoder_check(struct drm_encoder *encoder, struct drm_crtc_state *crtc_state,
			 struct drm_connector_state *conn_state)
{
	const struct drm_display_mode *mode = &crtc_state->mode;
	int i;

	if (mode->clock != CLOCK_KHZ || mode->hdisplay % 4 || mode->hsync_end == mode->hsync_start)
		return -EINVAL;
	for (i = 0; i < ARRAY_SIZE(line_lengths); i++) {
		const struct bounds *b = &line_lengths[i];

		if (mode->htotal == b->htotal)
			return field_fits(b, mode) && (b->tv_modes & BIT(conn_state->tv.mode)) ? 0 : -EINVAL;
	}
	return -EINVAL;
}

static const struct drm_encoder_helper_funcs encoder_helpers = {
	.atomic_check = encoder_check,
};

static const struct drm_encoder_funcs encoder_funcs = {
	.destroy = drm_encoder_cleanup,
};

int make_encoder(struct lead *lead)
{
	int ret = drm_encoder_init(&lead->drm, &lead->encoder, &encoder_funcs, DRM_MODE_ENCODER_TVDAC, NULL);

	if (ret)
		return ret;
	drm_encoder_helper_add(&lead->encoder, &encoder_helpers);
	lead->encoder.possible_crtcs = drm_crtc_mask(&lead->crtc);
	return 0;
}
