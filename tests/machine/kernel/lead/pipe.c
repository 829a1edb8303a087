// SPDX-License-Identifier: GPL-2.0
/* Plane and CRTC: what is shown, and when a flip counts as done. */
#include <linux/module.h>
#include <drm/drm_atomic.h>
#include <drm/drm_atomic_helper.h>
#include <drm/drm_fourcc.h>
#include <drm/drm_framebuffer.h>
#include <drm/drm_vblank.h>
#include "lead.h"

static bool halve_twice;
module_param(halve_twice, bool, 0644);
MODULE_PARM_DESC(halve_twice, "leave the interlaced frame time halved twice, so that sequence numbers step by two");

static int plane_check(struct drm_plane *plane, struct drm_atomic_state *state)
{
	struct drm_plane_state *new = drm_atomic_get_new_plane_state(state, plane);
	struct drm_crtc_state *crtc_state;

	if (!new->crtc)
		return 0;
	crtc_state = drm_atomic_get_new_crtc_state(state, new->crtc);
	return drm_atomic_helper_check_plane_state(new, crtc_state, DRM_PLANE_NO_SCALING, DRM_PLANE_NO_SCALING,
						   false, true);
}

static void plane_update(struct drm_plane *plane, struct drm_atomic_state *state)
{
	struct lead *lead = to_lead(plane->dev);
	struct drm_plane_state *new = drm_atomic_get_new_plane_state(state, plane);
	struct picture picture = {};

	if (new->fb)
		picture = (struct picture){
			.fb = new->fb->base.id,
			.offset = new->fb->offsets[0],
			.pitch = new->fb->pitches[0],
			.x = new->src_x >> 16,
			.y = new->src_y >> 16,
		};
	spin_lock_irq(&lead->drm.event_lock);
	lead->pending = picture;
	spin_unlock_irq(&lead->drm.event_lock);
}

static const struct drm_plane_helper_funcs plane_helpers = {
	.atomic_check = plane_check,
	.atomic_update = plane_update,
};

static const struct drm_plane_funcs plane_funcs = {
	.update_plane = drm_atomic_helper_update_plane,
	.disable_plane = drm_atomic_helper_disable_plane,
	.destroy = drm_plane_cleanup,
	.reset = drm_atomic_helper_plane_reset,
	.atomic_duplicate_state = drm_atomic_helper_plane_duplicate_state,
	.atomic_destroy_state = drm_atomic_helper_plane_destroy_state,
};

static int crtc_check(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct drm_crtc_state *new = drm_atomic_get_new_crtc_state(state, crtc);

	/*
	 * A user's interlaced mode comes with halved crtc_v values, and the core then halves the frame time again:
	 * the software count would run at two a field. Whole values here mend it.
	 */
	if (!halve_twice)
		drm_mode_set_crtcinfo(&new->adjusted_mode, 0);
	return 0;
}

static void crtc_enable(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	start_clock(to_lead(crtc->dev), &crtc->state->mode);
}

static void crtc_disable(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct lead *lead = to_lead(crtc->dev);

	stop_clock(lead);
	spin_lock_irq(&lead->drm.event_lock);
	if (crtc->state->event && !crtc->state->active) {
		drm_crtc_send_vblank_event(crtc, crtc->state->event);
		crtc->state->event = NULL;
	}
	spin_unlock_irq(&lead->drm.event_lock);
}

static void crtc_flush(struct drm_crtc *crtc, struct drm_atomic_state *state)
{
	struct drm_pending_vblank_event *event = crtc->state->event;

	if (!event)
		return;
	spin_lock_irq(&crtc->dev->event_lock);
	if (drm_crtc_vblank_get(crtc))
		drm_crtc_send_vblank_event(crtc, event);
	else
		drm_crtc_arm_vblank_event(crtc, event);
	crtc->state->event = NULL;
	spin_unlock_irq(&crtc->dev->event_lock);
}

static const struct drm_crtc_helper_funcs crtc_helpers = {
	.atomic_check = crtc_check,
	.atomic_enable = crtc_enable,
	.atomic_disable = crtc_disable,
	.atomic_flush = crtc_flush,
};

/* The field clock runs as long as the CRTC does, so there is nothing to switch. */
static int vblank_on(struct drm_crtc *crtc)
{
	return 0;
}

static void vblank_off(struct drm_crtc *crtc)
{
}

static const struct drm_crtc_funcs crtc_funcs = {
	.set_config = drm_atomic_helper_set_config,
	.page_flip = drm_atomic_helper_page_flip,
	.destroy = drm_crtc_cleanup,
	.reset = drm_atomic_helper_crtc_reset,
	.atomic_duplicate_state = drm_atomic_helper_crtc_duplicate_state,
	.atomic_destroy_state = drm_atomic_helper_crtc_destroy_state,
	.enable_vblank = vblank_on,
	.disable_vblank = vblank_off,
	.get_vblank_timestamp = get_stamp,
};

int make_pipe(struct lead *lead)
{
	static const u32 formats[] = { DRM_FORMAT_XRGB8888 };
	struct drm_device *drm = &lead->drm;
	int ret;

	ret = drm_universal_plane_init(drm, &lead->plane, 1, &plane_funcs, formats, ARRAY_SIZE(formats), NULL,
				       DRM_PLANE_TYPE_PRIMARY, NULL);
	if (ret)
		return ret;
	drm_plane_helper_add(&lead->plane, &plane_helpers);
	ret = drm_crtc_init_with_planes(drm, &lead->crtc, &lead->plane, NULL, &crtc_funcs, NULL);
	if (ret)
		return ret;
	drm_crtc_helper_add(&lead->crtc, &crtc_helpers);
	return 0;
}
